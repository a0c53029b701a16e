"""Plane curves with known crossings, and counts of crossings by means that the house does not use."""

from math import gcd

import numpy as np

from flatten.ornament.model import Strand


def turks_head(leads, bights, *, radius=60.0, swing=22.0, fine=160, shift=0.371):
    """A Turk's head as closed braid: at each bearing the strands stand at cosines of phases 2 pi m / leads.

    With no `shift` many crossings lie exactly at corners.
    """
    loops = gcd(leads, bights)
    t = (np.arange(fine * leads // loops) + shift) / fine * 2 * np.pi
    heads = []
    for loop in range(loops):
        r = radius + swing * np.cos(bights * t / leads + 2 * np.pi * loop / leads)
        heads.append(Strand(np.stack([r * np.cos(t), r * np.sin(t)], axis=1), closed=True))
    return heads


def closed_curve(at, count, *, shift=0.5):
    """The closed strand through at(t), t running once round."""
    t = (np.arange(count) + shift) / count * 2 * np.pi
    return Strand(np.stack(at(t), axis=1), closed=True)


def brute_crossings(strands):
    """Points (C,2) and pairs of (strand, place along it) of all proper crossings of segments, by their equations."""
    a, b, owner, begin, closing = [], [], [], [], []
    for number, strand in enumerate(strands):
        corners = np.concatenate([strand.points, strand.points[:1]]) if strand.closed else strand.points
        steps = np.hypot(*np.diff(corners, axis=0).T)
        a.append(corners[:-1])
        b.append(corners[1:])
        owner += [number] * len(steps)
        begin.append(np.cumsum(steps) - steps)
        closing += [0] * (len(steps) - 1) + [1]
    a, b, begin = np.concatenate(a), np.concatenate(b), np.concatenate(begin)
    points, visits = [], []
    for i in range(len(a) - 1):
        d, e, f = b[i] - a[i], b[i + 1 :] - a[i + 1 :], a[i + 1 :] - a[i]
        with np.errstate(divide="ignore", invalid="ignore"):
            scale = d[0] * e[:, 1] - d[1] * e[:, 0]
            s = (f[:, 0] * e[:, 1] - f[:, 1] * e[:, 0]) / scale
            t = (f[:, 0] * d[1] - f[:, 1] * d[0]) / scale
            hit = np.flatnonzero((s >= 0) & (s < 1) & (t >= 0) & (t < 1))
        for j in hit:
            other = i + 1 + j
            beside = owner[i] == owner[other] and (other == i + 1 or (closing[other] and begin[i] == 0.0))
            if beside:
                continue
            points.append(a[i] + s[j] * d)
            visits.append(
                (
                    (owner[i], begin[i] + s[j] * np.hypot(*d)),
                    (owner[other], begin[other] + t[j] * np.hypot(*e[j])),
                )
            )
    return np.array(points).reshape(-1, 2), visits
