"""House files: from TOML to a house; a file may say only what differs from another."""

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, get_type_hints

import msgspec
from msgspec import UNSET, UnsetType

from rewriter.problems import Refused
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.houses import HouseRules, RuleSettings
from rewriter.rulefiles.scoring_files import ScoringFile, read_scoring
from rewriter.rulefiles.section_names import section_named
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import beside, find_rule, path_of_name, shown
from rewriter.rulefiles.values import nearest
from rewriter.rulefiles.words import SEVERITIES, HouseSeverity, Language, Words


class HouseFile(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A house: how grave each rule is, and what is asked of the scoring."""

    title: str = ""
    summary: str = ""
    why: str = ""
    source: str = ""
    extends: Words | None = None
    language: Language | None = None
    ensemble: Words | None = None
    leading: Words | None = None
    rule: dict[str, Any] = {}
    scoring: tuple[ScoringFile, ...] = ()


class _Layer(NamedTuple):
    """One file of those that extend each other, its rules not yet laid over each other."""

    text: RuleText
    read: HouseFile
    folder: Path
    rules: dict[str, RuleSettings]


def load_house_rules(
    name_or_path: str, kinds: Mapping[str, type[msgspec.Struct]], ensemble: Ensemble | None
) -> HouseRules:
    """The house by name or file.

    Args:
        name_or_path: what ends in ``.toml`` is a file, everything else an exact name.
        kinds: ids of the rules there are → what may be set of each.
        ensemble: whose sections the file may name; None for that of the house, and where it
            names none the symphonic one.

    Raises:
        Refused: no such house, or the file or one it extends has faults.
    """
    path, text = find_rule("house", name_or_path)
    return house_from_text(text, path, kinds, ensemble)


def house_from_text(
    text: str,
    path: Path,
    kinds: Mapping[str, type[msgspec.Struct]],
    ensemble: Ensemble | None,
) -> HouseRules:
    """Read a house file.

    Args:
        text: its content.
        path: of the file; what it names is looked for beside it.
        kinds: ids of the rules there are → what may be set of each.
        ensemble: whose sections it may name; None for its own, else the symphonic one.

    Raises:
        Refused: every fault in the file, or in one it extends, one line each.
    """
    layers = _layers(RuleText(text, shown(path)), path, kinds)
    own = _ensemble(layers)
    forces = ensemble or own or load_ensemble()
    leading = _leading(layers, forces)
    _name_leading(layers, forces)
    scoring = [
        read_scoring(layer.text, layer.read.scoring, forces, layer.folder)
        for layer in reversed(layers)
    ]
    for layer in layers:
        layer.text.refuse_if_faulty()
    first = layers[0].read
    return HouseRules(
        name=path.stem,
        file=shown(path),
        title=first.title or path.stem,
        summary=first.summary,
        why=first.why,
        language=next((one.read.language for one in layers if one.read.language), None),
        ensemble=own,
        leading=leading,
        rules=_laid_over(layers),
        scoring=tuple(one for each in scoring for one in each),
    )


@cache
def block_shape(rule: str, parameters: type[msgspec.Struct]) -> type[msgspec.Struct]:
    """What ``[rule.ID]`` may hold: a severity, and the rule's own parameters.

    Args:
        rule: its id.
        parameters: what may be set of it.
    """
    hints = get_type_hints(parameters, include_extras=True)
    fields: list[tuple[str, Any, Any]] = [("severity", HouseSeverity | UnsetType, UNSET)]
    fields += [(name, hints[name] | UnsetType, UNSET) for name in parameters.__struct_fields__]
    name = "".join(word.capitalize() for word in rule.split("-"))
    return msgspec.defstruct(name, fields, forbid_unknown_fields=True, kw_only=True)


def _layers(
    text: RuleText, path: Path, kinds: Mapping[str, type[msgspec.Struct]]
) -> list[_Layer]:
    """The file, the file it extends, the one that one extends ..."""
    layers: list[_Layer] = []
    seen: list[Path] = []
    while True:
        layer = _layer(text, path.parent, kinds)
        layers.append(layer)
        seen.append(path.resolve())
        if layer.read.extends is None:
            return layers
        path, content = _extended(layer, seen)
        text = RuleText(content, shown(path))


def _layer(text: RuleText, folder: Path, kinds: Mapping[str, type[msgspec.Struct]]) -> _Layer:
    """One file, all faults of its shape told at once."""
    blocks = text.raw().get("rule")
    rules = {}
    for name, block in blocks.items() if isinstance(blocks, dict) else ():
        found = _rule_settings(text, name, block, kinds)
        if found is not None:
            rules[name] = found
    read = text.read(HouseFile)
    text.refuse_if_faulty()
    return _Layer(text, read, folder, rules)


def _rule_settings(
    text: RuleText, name: str, block: Any, kinds: Mapping[str, type[msgspec.Struct]]
) -> RuleSettings | None:
    """What a block sets of a rule; None, and faults noted, where it cannot."""
    path = ("rule", name)
    if name not in kinds:
        remedy = nearest(name.replace("_", "-"), kinds) or "rewriter rules house lists them"
        text.fault(path, f'no rule is called "{name}"', remedy)
        return None
    if block in SEVERITIES:
        what = "a severity stands where a block of settings is wanted"
        text.fault(path, what, f'write rule.{name}.severity = "{block}"')
        return None
    shape = block_shape(name, kinds[name])
    read = text.look(block, shape, path)
    if read is None:
        return None
    given = {
        field: value
        for field in shape.__struct_fields__
        if (value := getattr(read, field)) is not UNSET
    }
    return RuleSettings(given.pop("severity", None), given)


def _extended(layer: _Layer, seen: Sequence[Path]) -> tuple[Path, str]:
    """The file that one extends, and its text; of its own name, the shipped one."""
    text, name = layer.text, (layer.read.extends or "").strip()
    try:
        path, content = find_rule("house", beside(name, layer.folder), besides=seen)
        circle = path.resolve() in seen
    except Refused as refusal:
        circle = path_of_name("house", name) is not None
        if not circle:
            text.refused(("extends",), refusal)
        path, content = Path(), ""
    if circle:
        text.fault(("extends",), f'"{name}" extends itself')
    text.refuse_if_faulty()
    return path, content


def _ensemble(layers: Sequence[_Layer]) -> Ensemble | None:
    """The ensemble that the files name; None where they name none."""
    for text, read, folder, _ in layers:
        if read.ensemble is None:
            continue
        try:
            return load_ensemble(beside(read.ensemble, folder))
        except Refused as refusal:
            text.refused(("ensemble",), refusal)
            text.refuse_if_faulty()
    return None


def _leading(layers: Sequence[_Layer], ensemble: Ensemble) -> str:
    """Key of the section whose marks win; empty, or a fault noted, for none."""
    for text, read, _, _ in layers:
        if read.leading is not None:
            return section_named(text, ("leading",), read.leading, ensemble)
    return ""


def _name_leading(layers: Sequence[_Layer], ensemble: Ensemble) -> None:
    """Make sections that lead in one rule keys of the ensemble, or note a fault."""
    for layer in layers:
        for name, settings in layer.rules.items():
            given = settings.given.get("leading")
            if given:
                path = ("rule", name, "leading")
                key = section_named(layer.text, path, given, ensemble)
                layer.rules[name] = settings._replace(given={**settings.given, "leading": key})


def _laid_over(layers: Sequence[_Layer]) -> dict[str, RuleSettings]:
    """What is set of each rule, setting by setting; what extends a file comes over it."""
    rules: dict[str, RuleSettings] = {}
    for layer in reversed(layers):
        for name, new in layer.rules.items():
            old = rules.get(name, RuleSettings(None, {}))
            rules[name] = RuleSettings(new.severity or old.severity, {**old.given, **new.given})
    return rules
