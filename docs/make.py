"""The pages of docs/ that are computed from the code and its data: `python run.py docs` writes them anew.

sources.md: where every published figure was read, and what uses it. words.md: every reason and its sentence. verbs.md:
every verb of the command line. tests/test_docs.py fails when a page is not what this would write.
"""

from __future__ import annotations

import argparse
import ast
import csv
import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

HERE = Path(__file__).resolve().parent
PACKAGE = HERE.parent / "src" / "steadyrest"
MADE = "<!-- Made by `python run.py docs`. Change what it is made from, not this page. -->"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table in Markdown."""
    lines = [heads, ["---"] * len(heads), *rows]
    return ["| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in row) + " |" for row in lines]


def page(title: str, *blocks: Sequence[str]) -> str:
    """A page: its title, the mark of a made page, and blocks of lines with an empty line between them."""
    return "\n\n".join(["# " + title, MADE, *("\n".join(block) for block in blocks)]) + "\n"


# ---- sources -----------------------------------------------------------------------------------------------------


def sources_page() -> str:
    """Where every published figure was read."""
    from steadyrest.tables.rows import STANDINGS, rows, sources, table_names

    stands: dict[str, Counter[str]] = {key: Counter() for key in sources()}
    used: dict[str, dict[str, int]] = {key: {} for key in sources()}
    for name in table_names():
        for row in rows(name):
            key = row.text("source")
            stands[key][row.text("standing")] += 1
            used[key][f"{name}.csv"] = used[key].get(f"{name}.csv", 0) + 1
    for key, modules in named_in_code(set(sources())).items():
        used[key] |= dict.fromkeys(modules, 0)
    whole = sum(stands.values(), Counter())
    intro = (
        f"The published tables stand in `src/steadyrest/tables/data/`: {len(table_names())} files,"
        f" {whole.total()} rows, each with its source and its standing. What each standing means:"
    )
    meaning = [
        "- *seen*: read in the source itself, or in a copy of its page.",
        "- *seen in a reprint*: read in a handbook, catalogue or list that prints the standard's figures.",
        "- *computed*: follows from another row by the rule in its note.",
        "- *from memory*: not looked up. Look it up before anything depends on it.",
        "- *common practice, no source*: where a careful shop starts; your shop file, your supplier and your machine's"
        " manual go before it.",
    ]
    total = table(("standing", "rows"), [(one, str(whole[one])) for one in STANDINGS])
    each = table(
        ("key", "what", "edition", "where it was read", "used in", "standing"),
        [
            (
                f"`{key}`",
                source.title,
                source.edition,
                source.where,
                ", ".join(f"`{name}` ({count})" if count else f"`{name}`" for name, count in sorted(used[key].items())),
                ", ".join(f"{stands[key][one]} {one}" for one in STANDINGS if stands[key][one]),
            )
            for key, source in sources().items()
        ],
    )
    return page(
        "Sources", [intro], meaning, total, ["## Each source"],
        ["A number in brackets counts the rows of a table; a module without one names the source in a reason."],
        each, *practice_blocks(), *lists_blocks(),
    )  # fmt: skip


def named_in_code(keys: set[str]) -> Mapping[str, list[str]]:
    """For each key, the modules whose code holds it as a text of its own, tables/ left out."""
    found: dict[str, list[str]] = {key: [] for key in keys}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name.startswith(("tables/", "web/front/")):
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        texts = {
            node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
        for key in texts & keys:
            found[key].append(name)
    return found


def practice_blocks() -> list[list[str]]:
    """The rules that no table prints."""
    from steadyrest.tables.practice import rules

    told = [
        "## Rules that no table prints",
        "",
        "They stand in `tables/practice.toml`. None is a law: each is where a careful shop starts. The ending of a name"
        " is its unit; a share or a ratio has none.",
    ]
    rows = [(f"`{name}`", f"{rule.value:g}", rule.note, rule.standing) for name, rule in sorted(rules().items())]
    return [told, table(("name", "value", "what", "standing"), rows)]


def lists_blocks() -> list[list[str]]:
    """Lists with a standing that stand beside the code that reads them, outside tables/."""
    rows: list[tuple[str, str, str]] = []
    for path in sorted(PACKAGE.rglob("*.csv")):
        name = path.relative_to(PACKAGE).as_posix()
        if name.startswith(("tables/", "web/front/")):
            continue
        with path.open(encoding="utf-8", newline="") as file:
            stands = Counter(row["standing"] for row in csv.DictReader(file))
        rows.append((f"`{name}`", str(stands.total()), ", ".join(f"{n} {one}" for one, n in sorted(stands.items()))))
    return [["## Lists elsewhere"], table(("file", "rows", "standing"), rows)]


# ---- words -------------------------------------------------------------------------------------------------------


def words_page() -> str:
    """Every reason and its sentence, by the file and family it stands in."""
    blocks: list[list[str]] = []
    count = 0
    for path in sorted((PACKAGE / "wording" / "words").glob("*.toml")):
        for family, lines in tomllib.loads(path.read_text(encoding="utf-8")).items():
            count += len(lines)
            blocks.append([f"## {family}", "", f"From `wording/words/{path.name}`."])
            rows = [(f"`{family}.{name}`", sentence) for name, sentence in lines.items()]
            blocks.append(table(("reason", "sentence"), rows))
    intro = (
        f"Every figure carries its reasons, and this is everything that steadyrest can say for one: {count} sentences."
        " `{length_mm}` is a gap; the ending of its name is the unit, and the page shows it in the reader's own."
    )
    return page("Words", [intro], *blocks)


# ---- verbs -------------------------------------------------------------------------------------------------------


def verbs_page() -> str:
    """Every verb of the command line, with its words and flags."""
    from steadyrest.cli import verbs
    from steadyrest.cli.main import common, parser

    shared = argparse.ArgumentParser(prog="steadyrest", add_help=False)
    common(shared)
    everywhere = {flag_name(action) for action in shared._actions}
    blocks: list[list[str]] = [
        [clean(parser().description)],
        [clean(parser().epilog)],
        ["Every verb takes these:"],
        table(("flag", "what"), [flag_row(action) for action in shared._actions]),
    ]
    for verb in verbs.VERBS:
        one = argparse.ArgumentParser(prog=f"steadyrest {verb.name}", add_help=False)
        verb.flags(one)
        blocks.append([f"## {verb.name}", "", verb.says])
        blocks.append([f"    {verb.example}"])
        blocks += flag_blocks(one, everywhere)
    return page("The verbs of the command line", *blocks)


def flag_blocks(one: argparse.ArgumentParser, everywhere: set[str]) -> list[list[str]]:
    """The flags of a verb, then those of the verbs inside it."""
    inner = [action for action in one._actions if isinstance(action, argparse._SubParsersAction)]
    flags = [a for a in one._actions if a not in inner and flag_name(a) not in {*everywhere, "-h, --help"}]
    blocks = [table(("word", "what"), [flag_row(action) for action in flags])] if flags else []
    for action in inner:
        says = {choice.dest: choice.help for choice in action._choices_actions}
        for name, parser in action.choices.items():
            blocks.append([f"### {one.prog.removeprefix('steadyrest ')} {name}", "", clean(says.get(name))])
            if example := clean(parser.epilog).removeprefix("Example: "):
                blocks.append([f"    {example}"])
            blocks += flag_blocks(parser, everywhere)
    return blocks


def flag_name(action: argparse.Action) -> str:
    return ", ".join(action.option_strings) or str(action.metavar or action.dest)


def flag_row(action: argparse.Action) -> tuple[str, str]:
    """A flag as typed, and what it does."""
    takes = action.metavar if isinstance(action.metavar, str) else ""
    if action.choices and not takes:
        takes = "{" + ",".join(str(choice) for choice in action.choices) + "}"
    typed = f"{flag_name(action)} {takes}".strip() if action.option_strings else takes or action.dest
    says = clean(action.help)
    return f"`{typed}`", f"{says}; needed" if action.required and action.option_strings else says


def clean(text: str | None) -> str:
    return re.sub(r"\s+", " ", (text or "").replace("%%", "%")).strip()


PAGES: Mapping[str, Callable[[], str]] = {
    "sources.md": sources_page,
    "words.md": words_page,
    "verbs.md": verbs_page,
}


def main() -> None:
    for name, made in PAGES.items():
        (HERE / name).write_text(made(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
