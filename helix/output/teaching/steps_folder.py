"""The making of a joint as a folder: a picture for each step, numbered, a sheet of all, and the words; or as a page."""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import tempfile
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from helix.errors import ValidationError, ValidationIssue
from helix.output.canvas.canvas import canvas_pixels, png_bytes
from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.files import write_whole
from helix.output.picture.render import Painter, painter
from helix.output.teaching.animation import steps_html
from helix.output.teaching.bench import Bench
from helix.output.teaching.step_captions import fault_line
from helix.output.teaching.step_pictures import contact_canvas, step_canvas
from helix.output.words.answer_words import CAUTION
from helix.output.words.step_words import step_words
from helix.output.words.words import answer_line, mark_number, of_each_wire, title_of
from helix.studies.teaching.steps import Step
from helix.units import UNIT_WORDS

SIZE_PX = (1280, 800)
_PAGE_PX = (960, 600)
OnProgress = Callable[[int, int], None]


def folder_fault(path: Path, *, force: bool) -> ValidationIssue | None:
    """What would stop a folder of that name from being made or, with force, filled; None if nothing. Looks only."""
    place = str(path)
    try:
        if path.exists() and not path.is_dir():
            return ValidationIssue(place, "must be a folder to make; got a file")
        if path.is_dir():
            if any(path.iterdir()) and not force:
                return ValidationIssue(place, "is there and not empty; add --force to write the steps into it")
            if not os.access(path, os.W_OK):
                return ValidationIssue(place, "must be a folder that can be written to")
        elif not path.absolute().parent.is_dir():
            return ValidationIssue(place, f"must be in a folder that exists; got {path.parent}")
        elif not os.access(path.absolute().parent, os.W_OK):
            return ValidationIssue(place, f"must be in a folder that can be written to; got {path.parent}")
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        return ValidationIssue(place, f"must be a name that a folder can have; got {reason}")
    return None


def write_folder(
    bench: Bench,
    steps: Sequence[Step],
    path: Path,
    size_px: tuple[int, int] | None = None,
    *,
    vector: bool = False,
    force: bool = False,
    on_output: OnProgress | None = None,
) -> None:
    """Write all pictures, `all-steps` and `steps.txt` to a folder, which appears only when all are done.

    vector: SVG drawings in place of PNG pictures. A folder that is there is filled file by file. Raises
    ValidationError when it cannot be written, CannotRender on a machine that cannot draw pictures.
    """
    fault = folder_fault(path, force=force)
    if fault:
        raise ValidationError([fault])
    path = path.absolute()
    made: Path | None = None
    try:
        made = Path(tempfile.mkdtemp(prefix=f".{path.name[:40]}-", suffix=".part", dir=path.parent))
        with contextlib.closing(_files(bench, steps, size_px or SIZE_PX, vector, on_output)) as files:
            for name, content in files:
                write_whole(made / name, content)
        os.chmod(made, 0o777 & ~_mask())
        if path.is_dir() and any(path.iterdir()):
            for file in sorted(made.iterdir()):
                os.replace(file, path / file.name)
        else:
            if path.is_dir():
                path.rmdir()
            os.rename(made, path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ValidationError.at(str(path), f"cannot be written: {reason}") from error
    finally:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)


def page_text(
    bench: Bench,
    steps: Sequence[Step],
    size_px: tuple[int, int] | None = None,
    *,
    vector: bool = False,
    on_output: OnProgress | None = None,
) -> str:
    """The page with a picture (WebP) or, with vector, a drawing (SVG) for each step."""
    size = size_px or _PAGE_PX
    pictures = []
    with _painting(vector) as by:
        for step in steps:
            canvas = step_canvas(bench, step, size)
            pictures.append(canvas_svg(canvas).encode() if by is None else _webp(canvas_pixels(canvas, by=by)))
            if on_output:
                on_output(step.number, len(steps))
    return steps_html(bench, steps, pictures, "svg+xml" if vector else "webp")


def words(bench: Bench, steps: Sequence[Step]) -> str:
    """The steps and the ink marks as plain text."""
    unit = f"{UNIT_WORDS[bench.units]}{of_each_wire(bench.marks, bench.units)}"
    lines = [f"{title_of(bench.result)}: how it is made", answer_line(bench.result, bench.units)]
    lines += [*filter(None, (fault_line(bench.result),)), ""]
    lines += [f"{step.number:2d}  {step.title}. {step_words(step, bench.result, bench.units)}" for step in steps]
    lines += ["", f"Ink marks, {unit} from the tag's end:"]
    lines += [f"{mark.letter}  {mark_number(mark, bench.units):>8}  {mark.what}" for mark in bench.marks]
    return "\n".join((*lines, "", CAUTION)) + "\n"


def step_name(step: Step) -> str:
    """The name of a step's file without its ending: "04-twist-turn-1-of-5"."""
    slug = "".join(char if char.isalnum() else "-" for char in step.title.lower())
    return f"{step.number:02d}-" + "-".join(part for part in slug.split("-") if part)


def _files(
    bench: Bench, steps: Sequence[Step], size_px: tuple[int, int], vector: bool, on_output: OnProgress | None
) -> Generator[tuple[str, str | bytes], None, None]:
    """Give names and contents, each as soon as it is drawn, so that no more than two pictures are held."""
    ending = ".svg" if vector else ".png"
    yield "steps.txt", words(bench, steps)
    with _painting(vector) as by, ThreadPoolExecutor(1) as packer:  # packs one picture while the next is painted
        packed: tuple[str, Future[bytes]] | None = None
        for step in (*steps, None):
            canvas = contact_canvas(bench, steps) if step is None else step_canvas(bench, step, size_px)
            name = f"all-steps{ending}" if step is None else step_name(step) + ending
            if by is None:
                yield name, canvas_svg(canvas)
            else:
                pixels = canvas_pixels(canvas, by=by)
                if packed is not None:
                    yield packed[0], packed[1].result()
                packed = name, packer.submit(png_bytes, pixels)
            if on_output and step is not None:
                on_output(step.number, len(steps))
        if packed is not None:
            yield packed[0], packed[1].result()


def _webp(pixels: NDArray[np.uint8]) -> bytes:
    from PIL import Image

    buffer = io.BytesIO()
    Image.fromarray(pixels[..., :3]).save(buffer, "WEBP", quality=84, method=3)
    return buffer.getvalue()


def _painting(vector: bool) -> contextlib.AbstractContextManager[Painter | None]:
    return contextlib.nullcontext(None) if vector else painter()


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
