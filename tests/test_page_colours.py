"""The colours of the sections: far enough apart for every kind of colour sight, and seen on their ground.

Colour sight is simulated after Machado, Oliveira and Fernandes (2009), severity 1.0, with their published matrices as
remembered; differences are CIE 1976 L*a*b* (a just noticeable one is about 2.3); contrast is WCAG 2.2's.
"""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

import voicedraft.correct
from voicedraft.types import SECTIONS

Colour = npt.NDArray[np.float64]

SIGHT = {
    "full": np.eye(3),
    "no red": np.array([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                        [-0.003882, -0.048116, 1.051998]]),
    "no green": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                          [-0.011820, 0.042940, 0.968881]]),
    "no blue": np.array([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                         [0.004733, 0.691367, 0.303900]]),
}
XYZ = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750],
                [0.0193339, 0.1191920, 0.9503041]])
"""Linear sRGB to CIE XYZ, D65 (IEC 61966-2-1)."""
APART = 10.0
SEEN = 3.0
"""WCAG 2.2, 1.4.11: contrast of what is not text against its ground."""

CSS = (Path(voicedraft.correct.__file__).parent / "static" / "page.css").read_text(encoding="utf-8")


def _palette(dark: bool) -> dict[str, str]:
    blocks = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", blocks[1 if dark else 0]))


def _linear(colour: str) -> Colour:
    c = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def _lab(linear: Colour) -> Colour:
    x = XYZ @ np.clip(linear, 0, 1) / np.array([0.95047, 1.0, 1.08883])
    f = np.where(x > 0.008856, np.cbrt(x), 7.787 * x + 16 / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def _contrast(a: str, b: str) -> float:
    one, two = sorted((float((XYZ @ _linear(c))[1]) for c in (a, b)), reverse=True)
    return (one + 0.05) / (two + 0.05)


def _sections(dark: bool) -> dict[str, str]:
    palette = _palette(dark)
    return {s: palette[f"s-{s.replace('_', '-')}"] for s in SECTIONS}


@pytest.mark.parametrize("sight", SIGHT)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_two_sections_look_alike(dark: bool, sight: str) -> None:
    """Every pair is at least four just noticeable differences apart."""
    seen = {s: _lab(SIGHT[sight] @ _linear(c)) for s, c in _sections(dark).items()}
    near = {(a, b): float(np.linalg.norm(seen[a] - seen[b])) for a, b in itertools.combinations(seen, 2)}
    assert {pair: round(d, 1) for pair, d in near.items() if d < APART} == {}


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_every_section_is_seen_on_its_ground(dark: bool) -> None:
    """Contrast of at least 3 to 1 on the page and on a sheet."""
    palette = _palette(dark)
    faint = {(s, ground): round(_contrast(c, palette[ground]), 2) for s, c in _sections(dark).items()
             for ground in ("paper", "sheet") if _contrast(c, palette[ground]) < SEEN}
    assert faint == {}
