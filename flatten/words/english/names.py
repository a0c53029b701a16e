"""The English names of limbs, their sides and their landmarks, where the key is not the name itself."""

NAMES = {
    "zero.ankle": "the ankle",
    "zero.kneecap": "the kneecap",
    "zero.wrist": "the wrist",
    "zero.elbow": "the elbow’s crease",
    "widest.lower leg": "Widest calf",
    "widest.thigh": "Widest thigh",
    "widest.forearm": "Widest forearm",
    "widest.upper arm": "Widest upper arm",
    "zero place.ankle": "the least girth above the ankle",
    "zero place.kneecap": "the kneecap's top",
    "zero place.wrist": "the least girth of the wrist",
    "zero place.elbow": "the elbow's crease",
    "line.shin": "the line of the shin",
    "held.lower leg": "a strap round the leg above the widest place of the calf, clear of the knee’s hollow and of the "
    "outer side just below it, or let its bottom edge stand on the instep",
    "held.thigh": "straps up to a belt",
    "held.forearm": "a strap above the widest place, or lace it snugly over a sleeve",
    "held.upper arm": "a strap up to the shoulder",
}
