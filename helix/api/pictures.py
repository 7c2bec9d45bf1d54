"""Joints to look at from Python: beside each other, step by step, and as a picture.

Recipes as in `helix.api.joints`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from helix.api.asking import ask, prepared
from helix.api.joints import shape
from helix.tasks.opening import RecipeLike
from helix.values import result

if TYPE_CHECKING:
    from helix.studies.teaching.compare_joints import Comparison
    from helix.studies.teaching.steps import Step


def compare(*recipes: RecipeLike, pulls: str | Path | None = None) -> Comparison:
    """Compare 2 to 8 joints.

    Parameters
    ----------
    *recipes : RecipeLike
        The good one first.
    pulls : path, optional
        Pull tests (CSV) of the joints and of straight wire: they decide the verdicts.

    Returns
    -------
    Comparison

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    answer: Comparison = ask("compare", recipes=recipes, pulls=pulls)
    return answer


def steps(recipe: RecipeLike) -> tuple[Step, ...]:
    """List how hands make the joint, step by step.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.

    Returns
    -------
    tuple of Step

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    from helix.studies.teaching.steps import forming_steps

    return tuple(forming_steps(shape(recipe)))


@result
class Picture:
    """A picture of a joint: shown by a notebook, written by `save`. kind: "png" or "svg"."""

    kind: Literal["png", "svg"]
    content: bytes

    def _repr_png_(self) -> bytes | None:
        return self.content if self.kind == "png" else None

    def _repr_svg_(self) -> str | None:
        return self.content.decode() if self.kind == "svg" else None

    def save(self, path: str | Path, *, force: bool = False) -> None:
        """Write the picture.

        Parameters
        ----------
        path : str or Path
            The file, ending in the picture's kind.
        force : bool, optional
            True: overwrite a file that exists.

        Raises
        ------
        ValidationError
            Where the file exists (without force) or has another ending.
        """
        from helix.errors import ValidationError
        from helix.output.files import target_fault, write_whole

        issue = target_fault(Path(path), force=force, suffixes=(f".{self.kind}",))
        if issue is not None:
            raise ValidationError([issue])
        write_whole(Path(path), self.content, force=force)


def draw(
    recipe: RecipeLike, *, kind: Literal["png", "svg"] = "png", size: tuple[int, int] | None = None,
    colour: Literal["verdict", "strain", "section", "plain"] | None = None,
    view: Literal["side", "top", "eye", "three-quarter"] | None = None, theme: Literal["light", "dark"] | None = None,
    transparent: bool = False, pulls: str | Path | None = None,
) -> Picture:  # fmt: skip
    r"""Draw the joint as a picture (PNG), or true to scale (SVG), which a machine without 3-D drawing makes in any case.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    kind : "png" or "svg"
    size : (int, int), optional
        Pixels of a picture, mm of a drawing's page.
    colour, view, theme, transparent
        Of a picture, as for `helix draw`.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    Picture

    Raises
    ------
    ValidationError
        With everything that is wrong.

    Examples
    --------
    >>> draw({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, kind="svg").content[-7:]
    b'</svg>\n'
    """
    keywords = {"recipe": recipe, "size": None if size is None else "x".join(map(str, size)), "colour": colour,
                "view": view, "theme": theme, "transparent": transparent, "pulls": pulls}  # fmt: skip
    chosen, given = prepared("draw", {"output": Path(f"picture.{kind}")}, keywords)
    output = chosen.output("output")
    suffix, _ = output.possible(f".{kind}")
    content = output.make(chosen.run(given), given, suffix or ".svg")
    drawn: Literal["png", "svg"] = "png" if suffix == ".png" else "svg"
    return Picture(kind=drawn, content=content.encode() if isinstance(content, str) else content)
