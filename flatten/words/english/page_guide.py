"""How the bench is looked at, its keys, its colours, and the round that shows it to whoever is new, in English."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

GUIDE: Mapping[str, str] = MappingProxyType(
    {
        # The round
        "round": "Show me round",
        "round.offer": "Show me round, with the demo leg",
        "round.back": "Back",
        "round.next": "Next",
        "round.done": "Done",
        "round.leave": "Leave",
        "round.count": "{number} of {of}",
        "round.step limb": "The limb at its ruler",
        "round.step limb words": "It stands here as it was scanned. Each ring is a girth, at its height on the "
        "ruler; its line runs on to the same place of the leather.",
        "round.step leather": "Its leather, laid flat",
        "round.step leather words": "It looks up with its grain side. Rest the pointer on it: how far it stretches "
        "there is told, and where that is on the limb.",
        "round.step edges": "Edges are dragged",
        "round.step edges words": "Take a round point and move it up or down; the leather is laid anew. “Undo” takes "
        "any change back.",
        "round.step seam": "Here it opens",
        "round.step seam words": "The dashed line is the seam, in view now. Its square point moves it round the "
        "limb. What closes it is asked in the work order.",
        "round.step colours": "What the colours mean",
        "round.step colours words": "Blue is squeezed, orange is stretched. The bracket ends where this leather "
        "does; beyond the limits it is hatched.",
        "round.step verdict": "Whether it can be made",
        "round.step verdict words": "The gravest is told here first, with the way to its question. “More” opens all "
        "the rest, and advice where there is some.",
        "round.step order": "The work order",
        "round.step order words": "Answer it from top to bottom. A ring is still open, a tick is answered, an "
        "exclamation mark is in trouble.",
        "round.step files": "Take it away",
        "round.step files words": "At the end: sheets to print and join, files for a laser, and a report to read "
        "before you cut. Drop your own scan whenever you like.",
        # How limb and leather are looked at
        "look.turn": "Turn and tip the limb",
        "look.turn left": "Turn to the left",
        "look.turn right": "Turn to the right",
        "look.tip away": "Tip its top away",
        "look.tip near": "Tip its top towards you",
        "look.move": "Move limb and leather",
        "look.left": "Move to the left",
        "look.right": "Move to the right",
        "look.up": "Move up",
        "look.down": "Move down",
        "look.all": "Show all",
        "look.about": "Turn, tip and move",
        # The drawer in which all is told
        "told.title": "All findings and advice",
        "told.open": "More ({count})",
        "keys.round": "While you are shown round",
        "keys.leave round": "leave",
        "keys.told": "In the findings and advice",
        "keys.close told": "close them",
        # Pins
        "pin.limb": "{number}, on the limb: {words}",
        "pin.leather": "{number}, on the leather: {words}",
        # The colour bar
        "bar.squeezed": "squeezed up to {share}",
        "bar.stretched": "stretched up to {share}",
        "bar.limits": "beyond {limits}",
        "bar.between": " and ",
        # Advice, looked at and taken
        "advice.followed lead": "You took a piece of advice.",
        "advice.followed": "Taken:",
        "advice.give back": "Give it back",
        "advice.give back named": "Give it back: {advice}",
        "advice.stretch": "stretched up to {before} → {after}",
        "advice.squeeze": "squeezed up to {before} → {after}",
        # The key sheet
        "keys.open": "?",
        "keys.open named": "Keys and mouse",
        "keys.title": "Keys and mouse",
        "keys.mouse": "With the mouse",
        "keys.drag how": "Drag on the limb",
        "keys.drag": "turns and tips it",
        "keys.drag beside how": "Drag on the leather, or with Shift",
        "keys.drag beside": "moves limb and leather",
        "keys.wheel how": "Wheel",
        "keys.wheel": "larger and smaller, about the pointer",
        "keys.double how": "Double click",
        "keys.double": "shows all, upright",
        "keys.hover how": "Rest on the leather",
        "keys.hover": "tells the stretch there, on limb and leather",
        "keys.drag point how": "Drag a point of an edge or a seam",
        "keys.drag point": "moves that line",
        "keys.limb": "On limb and leather",
        "keys.turn": "turn the limb",
        "keys.tip": "tip it",
        "keys.move": "move limb and leather",
        "keys.larger": "larger",
        "keys.smaller": "smaller",
        "keys.all": "show all, upright",
        "keys.feel": "lay a finger on the leather, where it stretches most",
        "keys.finger": "move that finger",
        "keys.lift": "lift it",
        "keys.set": "while a place is asked for: set it at the cross",
        "keys.leave": "while a place is asked for: leave it as it is",
        "keys.point": "On a point of an edge or a seam",
        "keys.point up": "1 mm up or down",
        "keys.point far": "10 mm up or down",
        "keys.point along": "a seam’s point or a dart’s tip 1° round the limb",
        "keys.point delete": "take away a seam’s or an edge’s point, or a dart",
        "keys.steps": "Back and forward",
        "keys.undo": "undo the last change",
        "keys.redo": "make it again",
        "keys.anywhere": "Anywhere",
        "keys.sheet": "this sheet",
        "key.ArrowLeft": "←",
        "key.ArrowRight": "→",
        "key.ArrowUp": "↑",
        "key.ArrowDown": "↓",
        "key.PageUp": "Page up",
        "key.PageDown": "Page down",
        "key.Enter": "Enter",
        "key.Escape": "Esc",
        "key.Delete": "Delete",
        "key.Shift": "Shift",
        "key.Control": "Ctrl",
    }
)
"""Texts of the page by their keys, as PAGE has them."""
