"""What the browser page says in English where a sentence names a place of the job file: its own question instead."""

from __future__ import annotations

SPOKEN: tuple[tuple[str, str], ...] = (
    (r"write it into the job file under \[\[scan\.tape\]\], and make the job again before", "write it under "
     "<size.question> before"),
    (r"under \[\[scan\.tape\]\]", "under <size.question>"),
    (r"say unit = \"none\" under \[scan\]", "say so at <size.unit>"),
    (r"\(unit = \"none\"\), and only", "and only"),
    (r"give it as --tape .*?in the job file as\n\[\[scan\.tape\]\]\nat = \"widest\"\ngirth = \"386 mm\"",
     "write it under <size.question>"),
    (r"Measure from (?:(?!\. ).)*? up to it by tape and write under \[scan\] what it is, as joint = \"[^\"]*\"; or "
     r"click it on the page\.", "Click it under <limb.question>"),
    (r"Click it on the page, or write a point of the scan on it under \[scan\], as .*?, which is on the axis where it "
     r"is taken to be", "Click it under <limb.question>"),
    (r"leave it out, as front = \"auto\", where", "let it be found again where"),
    (r", limits = \"cased\"", ""),
    (r"check “over” under \[scan\]", "check <over> under <scan.question>"),
    (r"\(hollows = \"20 mm\" under \[wear\]\)", "(<hollows>, under <under.question>)"),
    (r"\[wear\] flexed: ", "the muscle that swells: "),
    (r"such as top = \"([^\"]*)\" under \[edges\]", r"such as \1, under <edges.question>"),
    (r"under \[edges\] lines", "under <finish.question>"),
    (r" \(\[edges\] finish, turn\)", ""),
    (r"under \[edges\]", "under <edges.question>"),
    (r"\b(of|on|in) (?:the )?(?:piece )?'whole'", r"\1 the leather"),
    (r"\b([Tt]he (?:leather|shape)) of “whole”", r"\1"),
    (r"\b(of|on|in) “whole”", r"\1 the leather"),
    (r"\bThe piece “whole”", "The leather"),
    (r"“whole”: ", "The leather: "),
    (r"the '(top|bottom) edge'", r"the \1 edge"),
    (r"write corners = 'auto', or a smaller radius", "leave it empty, or give a smaller radius"),
    (r"give at least one \[\[seam\]\]", "it needs one seam at least"),
    (r"([,;])( or)? leave 'skive' out", r"\1\2 do not skive it"),
    (r"write on = one of (.*?), or around which bearings it lies", r"let it lie on one of \1, or say where round the "
     "limb it lies"),
    (r": on = '([^']*)'", ""),
    (r"\[\[fitting\]\] (\S+)", r"try-on \1"),
    (r"leave 'side' out where it counts", "say both where it counts"),
    (r"Write what it shows into the job file: \[\[fitting\]\]", "Write what it shows under <tried.question>"),
    (r"write pattern = \"leather\" there", "say there that it was cut by <tried.cut by.leather>"),
    (r"of its hinge, hinge = \"([^\"]*)\"", r"of its hinge, such as \1, at <lames.hinge>"),
    (r"under \[former\]", "under <former.question>"),
    (r"\[output\.kerf\] cut is", "the width of the beam is"),
    (r"\[output\.kerf\] holes is", "the width of the beam in holes is"),
    (r"write (?:cut|holes) = '0 mm'", "write 0 mm"),
    (r"such as paper = '(\w+)'", r"such as \1"),
    (r"\[\[hardened\]\] strips", "hardened strips"),
    (r": a \[\[seam\]\](?: each,)? with .*?\. Its parts", ". Its parts"),
    (r"add a \[\[hide\]\] with thickness = \"([^\"]*)\"", r"add a leather \1 thick under <hides.question>"),
    (r"“[^”]* = ([^”]*)” under \[sure\] settles nothing that is in doubt; take it out of the job file",
     r"That you were sure of \1 settles nothing that is in doubt; take it back"),
)  # fmt: skip
"""Patterns of what stands in a sentence, and what the page says in its place; <keys> stand for the page's texts."""
