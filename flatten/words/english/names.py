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
}
