"""The five verdict marks and the hazard triangle as SVG, in one ink by fill, weight and pattern."""

from __future__ import annotations

import math

from looseends.catalogue.types import VerdictWord
from looseends.language import ENGLISH, Speech, say

INK = "#1c2230"
PAPER = "#f5f2ea"
VERDICT_ORDER: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan", "sound", "unproven")
MARK_RADIUS = 7.0
"""Radius of the round marks in drawing units; the unsafe block reaches 1.35 times as far."""

DOTS_ROUND = 10


def mark(verdict: VerdictWord, x: float, y: float, *, radius: float = MARK_RADIUS, paper: str = PAPER) -> str:
    """SVG group that marks a verdict at (x, y) in drawing units.

    Colors are given as attributes for readers without style sheets; the classes `ink-fill`, `paper-fill`,
    `ink-line` let a page restyle them for a dark bay. `data-verdict` repeats the word.
    """
    return (
        f'<g class="mark" data-verdict="{verdict}" transform="translate({x:.1f} {y:.1f})">'
        + (_halo(radius, paper) + _shape(verdict, radius, paper))
        + "</g>"
    )


def mark_reach(verdict: VerdictWord) -> float:
    """Half the room that a mark on the plan needs, its outline included [drawing units]."""
    return 1.35 * MARK_RADIUS + 2 if verdict == "unsafe" else MARK_RADIUS + 1.5


def mark_icon(verdict: VerdictWord, *, paper: str = PAPER) -> str:
    """The mark as a small picture of its own, for lists; the verdict word always stands beside it."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="icon" viewBox="-13 -13 26 26" width="26" height="26" '
        f'aria-hidden="true">{mark(verdict, 0, 0, radius=8.5, paper=paper)}</svg>'
    )


def hazard_triangle(speech: Speech = ENGLISH) -> str:
    """General warning sign W001 (ISO 7010), drawn by us: black band and mark on yellow, for unsafe findings only."""
    triangle = "M50 12 93 86H7Z"
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="hazard" viewBox="0 0 100 96" width="100" height="96" '
        f'role="img" aria-label="{speech.words(say("Warning"))}">'
        f'<path d="{triangle}" fill="#f9a800" stroke="#f9a800" stroke-width="13" stroke-linejoin="round"/>'
        f'<path d="{triangle}" fill="#f9a800" stroke="#000" stroke-width="8" stroke-linejoin="round"/>'
        '<path d="M44.5 36a5.5 5.5 0 0 1 11 0L53 62a3 3 0 0 1-6 0Z" fill="#000"/>'
        '<circle cx="50" cy="74" r="5.2" fill="#000"/></svg>'
    )


def _halo(radius: float, paper: str) -> str:
    return f'<circle class="paper-fill" r="{radius + 2.5:.1f}" fill="{paper}"/>'


def _shape(verdict: VerdictWord, radius: float, paper: str) -> str:
    ring = f'<circle class="paper-fill ink-line" r="{radius:.1f}" fill="{paper}" stroke="{INK}" stroke-width="2"'
    if verdict == "unsafe":
        outer, inner = 1.35 * radius, 0.82 * radius
        return _square(outer, f'class="paper-fill ink-line" fill="{paper}" stroke="{INK}" stroke-width="2.8"') + (
            _square(inner, f'class="ink-fill" fill="{INK}"')
        )
    if verdict == "replace":
        return f'<circle class="ink-fill" r="{radius + 1:.1f}" fill="{INK}"/>'
    if verdict == "plan":
        half = f'<path class="ink-fill" d="M0 {-radius:.1f}A{radius:.1f} {radius:.1f} 0 0 0 0 {radius:.1f}Z"'
        return f'{ring}/>{half} fill="{INK}"/>'
    if verdict == "sound":
        return f"{ring}/>"
    step = 2 * math.pi * radius / DOTS_ROUND
    return f'{ring} stroke-linecap="round" stroke-dasharray="0.01 {step - 0.01:.3f}"/>'


def _square(half: float, attributes: str) -> str:
    return f'<rect x="{-half:.1f}" y="{-half:.1f}" width="{2 * half:.1f}" height="{2 * half:.1f}" {attributes}/>'
