"""A simulated pull as a moving picture.

* each picture says "simulated, not tested", the joint's judgement, the load as the page says it, and the caution; none of its words meet;
* the mark without a way back stands on the line of the pull where the page has it; the dot goes from end to end;
* the wire is one piece up to the break and two after it; the arrow of the load grows with it and is gone then;
* it is as many pictures as it says, in one endless file.
"""

from __future__ import annotations

import io
import itertools
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from helix.errors import ValidationError
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import Stroke, Text
from helix.output.simulate.pull_film import pull_film
from helix.output.simulate.pull_frames import pull_frames
from helix.output.simulate.pull_moving import BETWEEN, moving_pull, pull_canvas
from helix.output.words.answer_words import CAUTION, headline
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.judge import judge
from helix.studies.simulate.pull_result import PullSimulation
from helix.studies.simulate.shipped import shipped_pull
from helix.tasks.simulate.simulate_task import TASK
from helix.tasks.task import Given


def simulation(key: str) -> PullSimulation:
    pull = shipped_pull(key)
    return PullSimulation(recipe=pull.recipe, strength_n=pull.recipe.wire.breaking_load_n[1], runs=(pull.run,))


@pytest.mark.parametrize("key", ["turns-5", "turns-2"])
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_each_picture_says_what_it_is(key: str, share: float) -> None:
    result = simulation(key)
    shown = pull_frames(result.middle)
    row = round(share * (len(shown.points) - 1))
    canvas = pull_canvas(result, shown, float(row))
    texts = [item for item in canvas.over if isinstance(item, Text)]
    words = [item.text for item in texts]
    film = pull_film(result.middle, result.recipe.wire.diameter_mm, result.strength_n)
    assert "Simulated, not tested" in words and CAUTION in words and "gives way" in words
    assert headline(judge(result.recipe)) in " ".join(words)
    assert film["said"][row][0] in words and film["said"][row][1] in words
    boxes = [box(item) for item in texts]
    assert all(x0 >= 0.0 and x1 <= canvas.width and y1 <= canvas.height for x0, _, x1, y1 in boxes)
    assert not any(
        a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in itertools.combinations(boxes, 2)
    )


def test_own_pieces_decide_on_the_joint_in_the_picture_too() -> None:
    """Failed once: the picture judged the joint by the models where the answer and the page had the pieces that unwound."""
    result = simulation("turns-5")
    own = OwnPulls(loads_n=(520.0,) * 5, broke=(False,) * 5, unwound=(True,) * 5, joints=(1,) * 5)
    held = hold_with(result.recipe, setting_of(result.recipe, draws=200), own)
    words = [
        item.text
        for item in pull_canvas(replace(result, held=held), pull_frames(result.middle), 0.0).over
        if isinstance(item, Text)
    ]
    assert headline(judge(result.recipe, held.findings)) in " ".join(words) and judge(result.recipe).is_ok


def box(item: Text) -> tuple[float, float, float, float]:
    """Of letters without what hangs below the line."""
    wide = text_width(item.text, item.size, bold=item.bold)
    left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
    return left, item.y - 0.75 * item.size, left + wide, item.y


def strokes(result: PullSimulation, time: float) -> dict[str, Stroke]:
    canvas = pull_canvas(result, pull_frames(result.middle), time)
    return {item.role: item for item in canvas.over if isinstance(item, Stroke)}


def test_the_wire_parts_at_the_mark() -> None:
    result = simulation("turns-5")
    shown = pull_frames(result.middle)
    last, end = float(shown.last), len(shown.points) - 1.0
    pieces = [len(pull_canvas(result, shown, time).frames[0].shown.pieces) for time in (0.0, last, last + 0.5, end)]
    assert pieces == [1, 1, 2, 2]
    line, mark = (np.array(strokes(result, 0.0)[name].points) for name in ("pull", "gives way"))
    assert (mark[0, 0] - line[0, 0]) / (line[-1, 0] - line[0, 0]) == pytest.approx(last / end)
    assert "runs round the pin" not in strokes(result, end)
    assert "runs round the pin" in strokes(
        simulation("turns-2"), len(pull_frames(simulation("turns-2").middle).points) - 1.0
    )


def test_a_gap_is_seen_between_the_ends() -> None:
    result = simulation("turns-5")
    shown = pull_frames(result.middle)
    frame = pull_canvas(result, shown, len(shown.points) - 1.0).frames[0]
    flat, _ = frame.view.project(frame.shown.points_mm)
    upper, lower = (flat[piece, 0] for piece in frame.shown.pieces)
    assert upper.min() - lower.max() > frame.shown.d_mm * frame.view.scale  # more than the wire is thick


@pytest.mark.slow
@pytest.mark.usefixtures("rendering")
def test_it_is_one_endless_file() -> None:
    result = simulation("turns-5")
    told: list[tuple[int, int]] = []
    data = moving_pull(result, size_px=(300, 200), on_output=lambda done, of: told.append((done, of)))
    picture = Image.open(io.BytesIO(data))
    count = BETWEEN * (len(pull_frames(result.middle).points) - 1) + 1
    assert picture.format == "WEBP" and picture.info["loop"] == 0 and getattr(picture, "n_frames", 1) == count
    assert told == [(done, count) for done in range(1, count + 1)]
    assert len(data) < 1_000_000


@pytest.mark.parametrize("suffix", [".html", ".webp"])
def test_a_pull_that_ran_away_as_it_began_is_no_film(suffix: str) -> None:
    run = replace(shipped_pull("turns-5").run, curve=(), frames=np.zeros((0, 0, 3)))
    result = replace(simulation("turns-5"), runs=(run,))
    given = Given(values={}, on_output=lambda line: None)
    with pytest.raises(ValidationError) as refused:
        [output.make(result, given, suffix) for output in TASK.files]
    assert ["output" in str(fault.place) for fault in refused.value.faults] == [True]
