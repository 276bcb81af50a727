"""Draws the force-movement curve of every kind of element into docs/pictures/elements: `python -m lessons.figures`."""

from __future__ import annotations

from pathlib import Path
from xml.sax.saxutils import escape

from lessons.element_curves import HAND_N, KINDS, Curve, Kind

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "pictures" / "elements"
WIDTH, HEIGHT = 300, 210
LEFT, RIGHT, TOP, BOTTOM = 54.0, 288.0, 32.0, 186.0
MOST_MM, MOST_N = 1.6, 165.0
INK, PAPER = "#1c2230", "#ffffff"


def place(moved: float, force: float) -> tuple[float, float]:
    """Page position of a movement [mm] and a force [N]; force goes up."""
    across = (moved + MOST_MM) / (2.0 * MOST_MM)
    up = (force + MOST_N) / (2.0 * MOST_N)
    return LEFT + across * (RIGHT - LEFT), BOTTOM - up * (BOTTOM - TOP)


def polyline(curve: Curve, dashed: bool) -> str:
    """A curve; points on one straight line with their neighbours are left out."""
    points = [place(m, f) for m, f in zip(curve.moved.tolist(), curve.force.tolist(), strict=True)]
    kept = [points[0]]
    for before, at, after in zip(points, points[1:], points[2:], strict=False):
        turn = (at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])
        if abs(turn) > 1e-3:
            kept.append(at)
    kept.append(points[-1])
    text = " ".join(f"{x:.1f},{y:.1f}" for x, y in kept)
    style = 'stroke-width="1.2" stroke-dasharray="5 4"' if dashed else 'stroke-width="2.4"'
    return f'<polyline points="{text}" {style} stroke-linejoin="round"/>'


def axes() -> str:
    """Both axes through the middle, with ticks and their words."""
    (x0, y0), (x1, _), (_, top) = place(0.0, 0.0), place(MOST_MM, 0.0), place(0.0, MOST_N)
    lines = [f"M{LEFT} {y0:.1f}H{x1:.1f}", f"M{x0:.1f} {BOTTOM}V{top:.1f}"]
    words = []
    for mm in (-1, 1):
        x, _ = place(mm, 0.0)
        lines.append(f"M{x:.1f} {y0 - 3:.1f}v6")
        words.append(f'<text x="{x:.1f}" y="{BOTTOM + 14:.1f}" text-anchor="middle">{_signed(mm)} mm</text>')
    for newton in (-100, 100):
        _, y = place(0.0, newton)
        lines.append(f"M{x0 - 3:.1f} {y:.1f}h6")
        words.append(f'<text x="{LEFT - 4:.0f}" y="{y + 4:.1f}" text-anchor="end">{_signed(newton)} N</text>')
    words.append(f'<text x="{RIGHT:.0f}" y="{y0 + 14:.1f}" text-anchor="end">movement</text>')
    words.append(f'<text x="{x0 - 6:.1f}" y="{TOP + 8:.1f}" text-anchor="end">force</text>')
    style = f'fill="{INK}" stroke="none" font-family="sans-serif" font-size="11"'
    return f'<path d="{"".join(lines)}" stroke-width="0.8"/>\n<g {style}>\n{"".join(words)}\n</g>'


def _signed(number: float) -> str:
    return f"{'−' if number < 0 else '+'}{abs(number):g}"


def svg(kind: Kind) -> str:
    """The picture of one kind of element, with the words for those who do not see it."""
    title, seen = escape(kind.title), escape(kind.seen)
    dashed = "" if kind.dashed is None else polyline(kind.dashed(), True) + "\n"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" aria-labelledby="{kind.file}-title {kind.file}-desc">\n'
        f'<title id="{kind.file}-title">{title}</title>\n'
        f'<desc id="{kind.file}-desc">Force upward over movement to the right, hands of {HAND_N:.0f} N. {seen}</desc>\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>\n'
        f'<text x="{WIDTH / 2:.0f}" y="18" text-anchor="middle" fill="{INK}" font-family="sans-serif" font-size="13" '
        f'font-weight="bold">{title}</text>\n'
        f'<g fill="none" stroke="{INK}">\n{axes()}\n{dashed}{polyline(kind.draw(), False)}\n</g>\n</svg>\n'
    )


def draw_all(folder: Path = FOLDER) -> list[Path]:
    """Write every picture; gives the files."""
    folder.mkdir(parents=True, exist_ok=True)
    files = [folder / f"{kind.file}.svg" for kind in KINDS]
    for kind, file in zip(KINDS, files, strict=True):
        file.write_text(svg(kind), encoding="utf-8")
    return files


if __name__ == "__main__":
    for written in draw_all():
        print(written.name)
