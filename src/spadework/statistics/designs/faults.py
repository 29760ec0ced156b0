"""What is wrong with a layout as it is asked for, in trade words, all at once."""

from __future__ import annotations

from collections.abc import Iterator

from spadework.reference import constants
from spadework.statistics.designs.layouts import ALONE, CHECKED, KINDS, NESTED, Asked, strata

__all__ = ["what_is_wrong"]


def what_is_wrong(asked: Asked) -> tuple[tuple[str, str], ...]:
    """Return what is wrong with a layout as it is asked for: the key and what would do, all at once.

    Examples
    --------
    >>> from spadework.statistics.designs.layouts import Asked, Factor
    >>> systems = Factor("system", ("plough", "cultivator", "strip"))
    >>> what_is_wrong(Asked("complete blocks", (systems,), 1))
    (('blocks', 'one block repeats nothing; complete blocks needs 2 or more, 4 are advised'),)
    """
    found = [*_of_kind(asked), *_of_restrictions(asked)]
    return tuple(found) or tuple(_of_errors(asked))


def _of_kind(asked: Asked) -> Iterator[tuple[str, str]]:
    rules = {key: entry.value for key, entry in constants("design_rules").items()}
    if asked.kind not in KINDS:
        yield "kind", f'"{asked.kind}" is no layout; one of {", ".join(KINDS)}'
        return
    for each in asked.factors:
        if len(each.labels) < 2 or len(set(each.labels)) < len(each.labels):
            yield "factor", f'"{each.name}" needs two labels or more, each once'
    names = [f.name for f in asked.factors]
    if len(set(names)) < len(names):
        yield "factor", "two factors have the same name; give each its own"
    within = [f.name for f in asked.factors if f.within]
    size = len(asked.whole)
    if asked.kind in NESTED and not within:
        yield (
            "factor",
            f"{asked.kind} needs a second factor with within = true: what differs inside the plots of a system",
        )
    if asked.kind not in NESTED and within:
        yield "factor", f'"{within[0]}" lies within whole plots; that needs kind = "split plots" or "criss-cross"'
    if asked.kind in CHECKED and len(asked.factors) > 1:
        yield "factor", f"{asked.kind} compares systems alone; take further factors out"
    if size * len(asked.inner) > rules["labels_most"]:
        yield "factor", f"a block would hold {size * len(asked.inner)} plots; allowed: up to {rules['labels_most']:g}"
    if asked.blocks > rules["blocks_most"]:
        yield "blocks", f"{asked.blocks} blocks; allowed: up to {rules['blocks_most']:g}"
    if asked.kind == "Latin square":
        if not rules["square_least"] <= size <= rules["square_most"]:
            allowed = f"{rules['square_least']:g} to {rules['square_most']:g}"
            yield "kind", f"a Latin square of {size}; allowed: {allowed} systems; take complete blocks"
        elif asked.blocks != size:
            yield "blocks", f"a Latin square of {size} has {size} rows and columns; write blocks = {size}"
    elif asked.kind not in ALONE and asked.blocks < rules["blocks_least"]:
        least, advised = rules["blocks_least"], rules["blocks_advised"]
        yield "blocks", f"one block repeats nothing; {asked.kind} needs {least:g} or more, {advised:g} are advised"
    if asked.kind == "pairs" and size != 2:
        yield "kind", f"pairs compare two, here are {size}; take complete blocks"
    yield from _of_checks(asked, rules)


def _of_checks(asked: Asked, rules: dict[str, float]) -> Iterator[tuple[str, str]]:
    labels = asked.factors[0].labels
    unknown = [name for name in asked.checks if name not in labels]
    if unknown:
        yield "check", f'"{unknown[0]}" is none of the systems: {", ".join(labels)}'
    elif asked.kind not in CHECKED:
        if asked.checks:
            yield "check", f"{asked.kind} has no check; take it out, or choose repeated check or augmented blocks"
    elif len(set(asked.checks)) >= len(labels):
        yield "check", "every system is a check; leave at least one to be held against it"
    elif asked.kind == "repeated check" and len(asked.checks) != 1:
        yield "check", 'a repeated check needs one check, e.g. check = ["plough"]'
    elif asked.kind == "augmented blocks" and len(set(asked.checks)) < 2:
        yield "check", "augmented blocks need two checks or more: their scatter is the error of all"
    low, high = rules["check_every_least"], rules["check_every_most"]
    if asked.kind == "repeated check" and not low <= asked.every <= high:
        yield "every", f"say how many strips from check to check, {low:g} to {high:g}: every = 3"
    elif asked.kind != "repeated check" and asked.every:
        yield "every", "belongs to a repeated check; take it out"


def _of_restrictions(asked: Asked) -> Iterator[tuple[str, str]]:
    told, labels = asked.restrictions, asked.factors[0].labels
    named = {"apart": told.apart, "edge": (told.edge,) if told.edge else (), "order": told.order}
    for key, names in named.items():
        for name in names:
            if name not in labels:
                yield key, f'"{name}" is none of the systems: {", ".join(labels)}'
    if len(set(told.apart)) == 1:
        yield "apart", "names one system; two or more are kept apart from one another"
    if told.order and (len(told.order) != len(labels) or set(told.order) != set(labels)):
        yield "order", "must name every system once: " + ", ".join(labels)
    if told.order and (told.apart or told.edge or told.borders):
        yield "order", "leaves nothing to draw; take apart, edge and borders out"
    if told.order and asked.kind in ("Latin square", *CHECKED):
        yield "order", f"one order in every block is no {asked.kind}; take strips"
    if told.order and len(asked.whole) > len(labels):
        yield "order", "does not say where the further factor lies; put that within whole plots, or take order out"
    if told.edge and asked.kind in ("Latin square", *CHECKED):
        yield "edge", f"cannot be kept in every block of {asked.kind}; take complete blocks"


def _of_errors(asked: Asked) -> Iterator[tuple[str, str]]:
    rules = constants("design_rules")
    if asked.few or asked.blocks < rules["blocks_least"].value:
        return  # what is looked at is not tested
    least, good, better = (rules[key].value for key in ("df_least", "df_good", "df_better"))
    for each in strata(asked):
        if each.df < least:
            yield (
                "blocks",
                f"leaves {each.df} degrees of freedom to the error of {each.name}; {least:g} are the least, {good:g} are "
                f"enough, {better:g} better. Take more blocks, or say it again with few = true",
            )
