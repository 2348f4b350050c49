"""The base of all models read from files, and pydantic's findings turned into faults with their place."""

from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from advisor.faults import Collector, nearest, shorten
from advisor.yamlfile import Document, Steps


class Entry(BaseModel):
    """Base of all models read from files: frozen, unknown keys are refused, nothing is converted in silence."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, strict=True)


Model = TypeVar("Model", bound=BaseModel)


_FORMS = {
    r"^20\d\d-\d\d$": 'a month such as "2026-11"',
    r"^[a-z0-9]+(-[a-z0-9]+)*$": "lower-case words joined by -",
    r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$": "lower-case words joined by _",
    r"^[a-z][a-z0-9_]*$": "lower-case words joined by _",
    r"^[a-z]+(\.[a-z_]+)*$": "lower-case words joined by a full stop",
    r"^[a-z_]+\.[a-z_0-9]+$": "alias.slot",
}
"""What the patterns of the models mean to a person."""


def validate(model: type[Model], document: Document, steps: Steps, data: Any, faults: Collector) -> Model | None:
    """Return the data as the model, or None with every finding added to `faults`."""
    try:
        return model.model_validate(data)
    except ValidationError as problem:
        for error in problem.errors(include_url=False):
            loc = tuple(step for step in error["loc"] if isinstance(step, str | int))
            what, accepted = _words(model, error, loc)
            faults.add(document.place(*steps, *loc), what, accepted)
        return None


def _words(model: type[BaseModel], error: Any, loc: Steps) -> tuple[str, str]:
    kind, value = error["type"], error.get("input")
    name = ".".join(str(step) for step in loc) or "the entry"
    if kind == "extra_forbidden":
        return f"the key {loc[-1]!r} is not known here", nearest(str(loc[-1]), _keys(model, loc[:-1]))
    if kind == "missing":
        return f"the key {loc[-1]!r} is missing", ""
    if kind == "string_type" and isinstance(value, int | float):
        return f"{name} is read as the number {value}", "put it in quotes"
    if kind == "literal_error":
        return f"{name}: {shorten(value)} is not known", f"accepted: {error['ctx']['expected']}"
    if kind == "string_pattern_mismatch":
        return f"{name}: {shorten(value)} has not the right form", _FORMS.get(error["ctx"]["pattern"], "")
    if kind == "string_too_short":
        return f"{name}: {shorten(value)} is too short", f"at least {error['ctx']['min_length']} characters"
    if kind.endswith("_type") and loc:
        return f"{name}: {shorten(value)} does not fit", error["msg"][0].lower() + error["msg"][1:]
    return f"{name}: {error['msg'].removeprefix('Value error, ')}", ""


def _keys(model: type[BaseModel], loc: Steps) -> list[str]:
    """Return the keys that the model at that place takes."""
    current: Any = model
    for step in loc:
        if isinstance(step, int):
            continue
        fields = {(field.alias or name): field for name, field in current.model_fields.items()}
        if step not in fields:
            return []
        current = _inner(fields[step].annotation)
        if current is None:
            return []
    return [field.alias or name for name, field in current.model_fields.items()]


def _inner(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _inner(part)
        if found is not None:
            return found
    return None
