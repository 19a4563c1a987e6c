"""The palette for eyes that see fewer colors, and in gray.

Simulation: Machado, Oliveira, Fernandes 2009, severity 1, matrices in linear RGB (from memory; each
row must sum to 1, which a slip of memory would hardly keep). Difference: CIE 1976 in CIELAB from
sRGB (IEC 61966-2-1; from memory). The least difference asked for is a choice of this project, ten
times the 2.3 that is often called just noticeable (from memory).
"""

import itertools

import numpy as np
import pytest

from homestead.screen.picture import COLOR, HATCH, INK, MARKER, PAPER

SEEN_BY = {
    "full color vision": np.eye(3),
    "protanopia": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deuteranopia": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritanopia": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)  # fmt: skip
LEAST_DIFFERENCE = 23.0
LEAST_GREY_STEP = 10.0  # of 100 in lightness
NEEDS = ("power", "water", "warmth", "food")


def linear(color):
    parts = np.array([int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    xyz = TO_XYZ @ np.clip(rgb, 0, 1) / (TO_XYZ @ np.ones(3))
    x, y, z = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def contrast(one, other):
    """Contrast ratio of WCAG 2.1."""
    light, dark = sorted(((TO_XYZ @ linear(c))[1] + 0.05 for c in (one, other)), reverse=True)
    return light / dark


def test_the_matrices_keep_white_white():
    for matrix in SEEN_BY.values():
        assert np.sum(matrix, axis=1) == pytest.approx(1.0, abs=2e-6)


def test_lightness_of_known_colors():
    # By definition white is 100, black 0; sRGB red 53.24 (published tables, from memory).
    assert lab(linear("#ffffff"))[0] == pytest.approx(100.0, abs=0.005)
    assert lab(linear("#000000"))[0] == pytest.approx(0.0, abs=0.005)
    assert lab(linear("#ff0000"))[0] == pytest.approx(53.24, abs=0.01)


@pytest.mark.parametrize("eyes", SEEN_BY)
def test_needs_keep_apart_for_all_eyes(eyes):
    seen = {name: lab(SEEN_BY[eyes] @ linear(COLOR[name])) for name in (*NEEDS, "homestead")}
    for one, other in itertools.combinations(seen, 2):
        difference = float(np.linalg.norm(seen[one] - seen[other]))
        assert difference >= LEAST_DIFFERENCE, (eyes, one, other, difference)


def test_needs_keep_apart_in_grey():
    shades = sorted(lab(linear(COLOR[name]))[0] for name in (*NEEDS, "homestead"))
    assert min(np.diff(shades)) >= LEAST_GREY_STEP


def test_no_need_is_told_by_color_alone():
    assert len({MARKER[need] for need in NEEDS}) == len({HATCH[need] for need in NEEDS}) == 4


def test_text_and_lines_stand_out_from_the_paper():
    # WCAG 2.1, 1.4.3 and 1.4.11: 4.5 for text, 3 for what a figure is understood by. Shapes of the
    # lightest color have an edge in ink.
    assert contrast(INK, PAPER) >= 4.5
    assert all(contrast(COLOR[need], PAPER) >= 3 for need in ("water", "warmth", "food"))
