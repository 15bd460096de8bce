"""`saltriage rules ...`: what maintainers of rules need. Every command calls one function of `saltriage.workshop`."""

import sys
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from saltriage.cli.app import FINDINGS, app
from saltriage.cli.options import OutputForm, RulesOption, say_tree

if TYPE_CHECKING:
    from saltriage.knowledge.model import Knowledge

rules_app = typer.Typer(help="Check, write, compare and show rules.", no_args_is_help=True)
app.add_typer(rules_app, name="rules")


class FindingForm(StrEnum):
    text = "text"
    json = "json"
    sarif = "sarif"
    github = "github"
    junit = "junit"


class ComparisonForm(StrEnum):
    text = "text"
    json = "json"
    markdown = "markdown"


@rules_app.command("check")
def check_command(
    paths: Annotated[list[Path] | None, typer.Argument(help="Files or folders; everything if left out.")] = None,
    form: Annotated[FindingForm, typer.Option("--format", help="How to show the findings.")] = FindingForm.text,
    cases: Annotated[bool, typer.Option("--cases/--no-cases", help="Look at the reference cases as well.")] = True,
    report: Annotated[bool, typer.Option("--report", help="Count the numbers by kind of source as well.")] = False,
    rules: RulesOption = None,
) -> None:
    """Check rules and reference cases; exit code 1 when one of them does not pass, or when nothing was checked."""
    from saltriage.workshop.checked import check_rules, tree_to_check
    from saltriage.workshop.finding_forms import FORMS

    tree = say_tree(tree_to_check(paths or (), rules))
    checked = check_rules(paths or (), rules, cases)
    typer.echo(FORMS[form.value](checked), nl=False)
    if report:
        from saltriage.workshop.number_sources import number_sources, report_text

        typer.echo(report_text(number_sources(tree.rules)), nl=False, err=form != FindingForm.text)
    if checked.errors:
        sys.exit(FINDINGS)


@rules_app.command("fix")
def fix_command(
    paths: Annotated[list[Path] | None, typer.Argument(help="Files or folders; everything if left out.")] = None,
    write: Annotated[bool, typer.Option("--write", help="Make the changes instead of showing them.")] = False,
    rules: RulesOption = None,
) -> None:
    """Mend what needs no thought: quotes, order of keys, schema line, id, unwanted words, the list of ids.

    Shows the changes; exit code 1 while there are some that were not made.
    """
    from saltriage.workshop.checked import nearby, tree_to_check
    from saltriage.workshop.fixing import fixed_files, write_fixed

    tree = tree_to_check(paths or (), rules)
    home = nearby(say_tree(tree.to_write() if write else tree).rules)
    files = fixed_files(home, paths or ())
    for file in files:
        typer.echo(f"mended: {file.path} ({', '.join(file.codes)})" if write else file.difference, nl=write)
    if write:
        write_fixed(files)
    typer.echo(f"{len(files)} {'file' if len(files) == 1 else 'files'} {'changed' if write else 'to change'}", err=True)
    if files and not write:
        sys.exit(FINDINGS)


@rules_app.command("mutate")
def mutate_command(
    *,
    only: Annotated[list[str] | None, typer.Option("--only", help="Id of a rule to wrong; may be repeated.")] = None,
    changed: Annotated[
        str, typer.Option("--changed", metavar="REVISION", help="Only rules that changed since, or whose cases did.")
    ] = "",
    kinds: Annotated[
        list[str] | None, typer.Option("--kind", help="removal, flip, threshold or word; all if left out.")
    ] = None,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help="Processes.")] = 2,
    every: Annotated[bool, typer.Option("--every", help="List every mutant, not only those not noticed.")] = False,
    form: Annotated[OutputForm, typer.Option("--format", help="How to show the result.")] = OutputForm.text,
    rules: RulesOption = None,
) -> None:
    """Wrong the rules one at a time and see which reference case notices; exit code 1 when none does."""
    from saltriage.workshop.mutation import mutate
    from saltriage.workshop.mutation_report import mutation_json, mutation_text

    result = mutate(
        _rules(rules),
        tuple(kinds or ()),
        frozenset(only or ()),
        changed=changed,
        workers=workers,
        progress=_progress("mutants"),
    )
    told = mutation_json(result) if form is OutputForm.json else mutation_text(result, every)
    typer.echo(told, nl=False)
    if result.survivors or result.failing:
        sys.exit(FINDINGS)


def _rules(rules: Path | None) -> Path:
    """The folder of rules to work with, once it was said which one; maintainers are always told."""
    from saltriage.knowledge.home import chosen_tree

    return say_tree(chosen_tree(rules)).rules


def _knowledge(rules: Path | None) -> "Knowledge":
    from saltriage.knowledge import load_knowledge

    return load_knowledge(_rules(rules))


def _progress(what: str) -> Callable[[int, int], None]:
    """Shows how far a long run is, on a terminal only."""

    def show(done: int, count: int) -> None:
        if sys.stderr.isatty():
            print(f"\r{done} of {count} {what}", end="\n" if done == count else "", file=sys.stderr, flush=True)

    return show


@rules_app.command("consistency")
def consistency_command(
    callers: Annotated[int, typer.Option("--callers", min=1, max=10000, help="Callers drawn for each cause.")] = 60,
    seed: Annotated[int, typer.Option("--seed", help="Another seed draws other callers.")] = 20261125,
    rules: RulesOption = None,
) -> None:
    """Draw callers from each cause's own symptoms; exit code 1 when too few of them get their fault."""
    from saltriage.workshop.consistency import consistency, consistency_text

    found = consistency(_knowledge(rules), callers, seed)
    typer.echo(consistency_text(found), nl=False)
    if not found.passed:
        sys.exit(FINDINGS)


@rules_app.command("new")
def new_command(
    *,
    kind: Annotated[
        str,
        typer.Argument(
            help="symptom, reading, cause, state, doubt, action, order, safety, limit, equipment, target, plan, hearing"
        ),
    ],
    id: Annotated[str, typer.Option("--id", help="Id of the rule, for example salt-too-low.")] = "",
    title: Annotated[str, typer.Option("--title", help="Short name in plain words.")] = "",
    area: Annotated[str, typer.Option("--area", help="Area of a cause; its folder.")] = "",
    case: Annotated[str, typer.Option("--case", help="Id of its case; made from the rule's if left out.")] = "",
    fields: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="FIELD=VALUE", help="Any field, the value as in YAML; dots go deeper."),
    ] = None,
    rules: RulesOption = None,
) -> None:
    """Write a rule and its case as stubs that fail the check until they are filled in; asks for what is left out."""
    from saltriage.errors import UsageRefused
    from saltriage.knowledge.home import chosen_tree
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.editor_ids import renew_ids
    from saltriage.workshop.scaffold import fields_of, scaffold, words_of, write

    home = nearby(say_tree(chosen_tree(rules).to_write()).rules)
    given = {}
    for pair in fields or ():
        name, equals, value = pair.partition("=")
        if not equals:
            raise UsageRefused(f"--set {pair}: write FIELD=VALUE, for example --set common=rare")
        given[name] = value
    given |= {name: value for name, value in (("title", title), ("area", area)) if value}
    if sys.stdin.isatty() and not id:
        id = typer.prompt("Id of the rule, for example salt-too-low")
        for name in ("title", *fields_of(kind, home)):
            if name not in given:
                words = ", ".join(words_of(kind, name, home))
                told = typer.prompt(f"{name}{f' ({words})' if words else ''}; empty to fill in later", default="")
                given |= {name: told} if told else {}
    stub = scaffold(kind, id, given, home, case)
    write(stub)
    renew_ids(home, stub.rule)
    typer.echo(f"{stub.rule}\n{stub.case}")
    typer.echo(f"Fill in both, then: saltriage rules check {stub.rule} {stub.case}", err=True)


@rules_app.command("diff")
def diff_command(
    old: Annotated[str, typer.Argument(metavar="OLD", help="Git revision, or folder with rules/ and cases/.")],
    new: Annotated[str, typer.Argument(metavar="[NEW]", help="The same; the current state if left out.")] = "",
    form: Annotated[ComparisonForm, typer.Option("--format", help="How to show it.")] = ComparisonForm.text,
    callers: Annotated[int, typer.Option("--callers", min=0, max=100000, help="Sampled callers.")] = 300,
    seed: Annotated[int, typer.Option("--seed", help="Another seed draws other callers.")] = 20261125,
) -> None:
    """Say who gets another first cause, order, stop, dose or action from the newer rules."""
    from saltriage.workshop.comparison import compare
    from saltriage.workshop.comparison_forms import FORMS

    here = _rules(None).parent
    typer.echo(FORMS[form.value](compare(old, new, here, callers, seed)), nl=False)


@rules_app.command("explain")
def explain_command(
    case: Annotated[str, typer.Argument(metavar="CASE", help="Id or file of a case; '-' reads standard input.")],
    cause: Annotated[str, typer.Argument(metavar="CAUSE", help="Id or file of a cause.")],
    rules: RulesOption = None,
) -> None:
    """Show how a cause came by its chance in a case, step by step."""
    from saltriage.case import load_case
    from saltriage.knowledge import load_knowledge
    from saltriage.workshop.explain import explained, explained_text
    from saltriage.workshop.naming import case_named, id_named

    home = _rules(rules)
    knowledge = load_knowledge(home)
    told = load_case(case_named(case, home), knowledge)
    typer.echo(explained_text(explained(told, id_named(cause), knowledge)), nl=False)


@rules_app.command("lock")
def lock_command(
    write: Annotated[bool, typer.Option("--write", help="Write versions.lock; only when rules are released.")] = False,
    anew: Annotated[
        bool, typer.Option("--anew", help="Forget a release that nobody has seen yet; take the rules as they stand.")
    ] = False,
    rules: RulesOption = None,
) -> None:
    """Say which version the knowledge should have; exit code 1 when knowledge.yaml says less."""
    from saltriage.knowledge.home import chosen_tree
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.lock import release

    tree = chosen_tree(rules)
    home = nearby(say_tree(tree.to_write() if write else tree).rules)
    found = release(home, write, anew)
    typer.echo(f"knowledge version {found.version}; wanted {found.wanted} ({found.why})")
    if found.written:
        typer.echo(f"written: {home / 'versions.lock'}")
    elif found.version != found.wanted and not found.written:
        typer.echo(f'{home / "knowledge.yaml"}: make the line read `version: "{found.wanted}"`')
        sys.exit(FINDINGS)


@rules_app.command("show")
def show_command(
    rule: Annotated[str, typer.Argument(metavar="RULE", help="Id or file of a rule.")], rules: RulesOption = None
) -> None:
    """Show one rule: what it says, what refers to it, its cases, sources and history."""
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.naming import id_named
    from saltriage.workshop.pages import library, page_text, pages_of

    for number, page in enumerate(pages_of(id_named(rule), library(nearby(_rules(rules))))):
        typer.echo(("\n" if number else "") + page_text(page), nl=False)


@rules_app.command("map")
def map_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Ends in .html (searchable) or .svg.")],
    rules: RulesOption = None,
) -> None:
    """Draw which cause shows which symptom, as a page or picture that loads nothing from anywhere."""
    from saltriage.errors import UsageRefused
    from saltriage.workshop.picture import map_html, map_svg

    forms = {".html": map_html, ".svg": map_svg}
    if file.suffix not in forms:
        raise UsageRefused(f"{file}: the name must end in .html or .svg")
    file.write_text(forms[file.suffix](_knowledge(rules)), encoding="utf-8")
    typer.echo(str(file))


@rules_app.command("book")
def book_command(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Empty, or of an earlier book.")],
    rules: RulesOption = None,
) -> None:
    """Write the rules as static pages, one for each, that load nothing from anywhere."""
    from saltriage.workshop.book import write_book

    count = write_book(folder, _rules(rules))
    typer.echo(f"{count} pages: {folder / 'index.html'}")


@rules_app.command("codes")
def codes_command(
    write: Annotated[Path | None, typer.Option("--write", metavar="FILE", help="Renew the table in this file.")] = None,
) -> None:
    """Print the table of all check codes, or renew it in DEVELOPERS.md."""
    from saltriage.workshop.code_table import code_table, write_code_table

    if write:
        write_code_table(write)
    typer.echo(code_table() if not write else str(write))
