"""The card for measuring somebody who is far away, in English."""

from __future__ import annotations

from flatten.words.language import Sentence, fixed

SENTENCES: dict[str, Sentence] = {
    "card.title": fixed("How to measure a limb for leather armour"),
    "card.head": fixed("Measured for leather"),
    "card.for": fixed("For the bench: the scan of a limb, and the girths that belong to it"),
    "card.ready": fixed("Get ready"),
    "card.ready.how": fixed(
        "Bare skin, or the thin sock that will be worn; say which. Not right after sport or a long day on your feet: "
        "a calf swells by several millimetres. Somebody else holds the tape and the phone."
    ),
    "card.tape": fixed("The tape"),
    "card.tape.how": fixed(
        "Stand with both feet loaded alike, knees straight but not locked. The upper arm hangs loose; for the forearm "
        "lift it level, the hand open, the thumb up. Lay the tape square to the limb, flat on the skin, touching all "
        "round and pressing nowhere. Read to the millimetre. Do it twice; if the two differ by more than 4 mm, do it "
        "a third time."
    ),
    "card.scan": fixed("The scan"),
    "card.scan.how": fixed(
        "The same stance; do not move. The helper walks round the limb with the phone, at arm’s length, once level, "
        "once higher, once lower: the back too, and the whole foot or the open hand, by which the front is found. A "
        "thigh is scanned from below the knee up to the groin, best with its foot; an upper arm hanging off the body, "
        "from below the elbow up to the armpit. Good even light, no dark stockings, nothing shiny. Leave a plain "
        "floor; nobody else in the picture."
    ),
    "card.send": fixed("Send"),
    "card.send.how": fixed(
        "The scan as the phone saves it (OBJ, PLY, STL, GLB, USDZ or a ZIP of one) and this card filled in, with "
        "whether it was the left or the right limb. It is a picture of a body: send it only to whom you trust."
    ),
    "card.calf": fixed("Widest calf"),
    "card.calf.where": fixed("where the calf is thickest"),
    "card.ankle": fixed("Ankle"),
    "card.ankle.where": fixed("where it reads least above the ankle bones; mark it"),
    "card.below knee": fixed("Below the knee"),
    "card.below knee.where": fixed("right under the kneecap"),
    "card.above knee": fixed("Above the knee"),
    "card.above knee.where": fixed("right above the kneecap"),
    "card.thigh": fixed("Widest thigh"),
    "card.thigh.where": fixed("close below the groin, the feet a hand apart"),
    "card.forearm": fixed("Widest forearm"),
    "card.forearm.where": fixed("a hand below the crease of the elbow"),
    "card.wrist": fixed("Wrist"),
    "card.wrist.where": fixed("where it reads least above the wrist’s crease; mark it"),
    "card.upper arm": fixed("Widest upper arm"),
    "card.upper arm.where": fixed("where it is thickest; the arm hangs loose, a hand off the body"),
    "card.leg": fixed("both feet loaded alike"),
    "card.arm": fixed("forearm level, thumb up"),
    "card.whose": fixed("Whose limb"),
    "card.zero": fixed(
        "0: heights along the limb count from the marks at 2 and 7, on a thigh from the upper rim of the kneecap, on "
        "an upper arm from the crease of the elbow."
    ),
    "card.side": fixed("left or right"),
    "card.over": fixed("over skin, or over"),
}
