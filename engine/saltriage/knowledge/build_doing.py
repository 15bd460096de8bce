"""Checked data -> actions, dangers, orders, plans."""

from saltriage.knowledge.build_parts import Data, condition, head, number, some_number, some_wording, wording
from saltriage.knowledge.doing import Action, ExpectedChange, Order, PlanRule, PlanRuleStep, Safety, Steps

__all__ = ["built_action", "built_order", "built_plan", "built_safety"]


def built_action(data: Data, path: str) -> Action:
    expect = data["expect"]
    return Action(
        **head(data, path),
        job=data["job"],
        kind=data["kind"],
        adds=data["adds"],
        opens_equipment=data["opens-equipment"],
        minutes=float(data["effort"]["minutes"]),
        cost=data["effort"]["cost"],
        risk=data["risk"],
        when=condition(data, "when", path),
        requires=condition(data, "requires", path),
        finds=tuple(data.get("finds", ())),
        why=wording(data["why"]),
        steps=Steps(tuple(data["steps"]["owner"]), tuple(data["steps"]["support"])),
        calculator=data["dose"]["calculator"] if "dose" in data else "",
        expect=ExpectedChange(
            wording(expect["see"]),
            number(expect["by"]),
            expect.get("reading", ""),
            expect.get("moves", ""),
            expect.get("symptom", ""),
        ),
        if_not=wording(data["if-not"]),
        safety=tuple(data.get("safety", ())),
        touches=frozenset(data["touches"]),
        moves=frozenset(data["moves"]),
        keeps_still=frozenset(data.get("keeps-still", ())),
        under=data["under"],
    )


def built_safety(data: Data, path: str) -> Safety:
    return Safety(
        **head(data, path),
        kind=data["kind"],
        hazard=data["hazard"],
        say=wording(data["say"]),
        when=condition(data, "when", path),
        until=some_wording(data.get("until")),
        call=data.get("call", "none"),
        level=data.get("level", ""),
        within=data.get("within", ""),
        heard=frozenset(data.get("heard", ())),
        forbids=frozenset(data.get("forbids", ())),
        forbids_moves=frozenset(data.get("forbids-moves", ())),
        demands=tuple(data.get("demands", ())),
    )


def built_order(data: Data, path: str) -> Order:
    return Order(
        **head(data, path),
        rank=data["rank"],
        rescue=data["rescue"],
        place=data["place"],
        touches=frozenset(data["touches"]),
        beats=frozenset(data["beats"]),
        say=wording(data["say"]),
        instead=data.get("instead", ""),
        action=data.get("action", ""),
    )


def _plan_step(data: Data, path: str) -> PlanRuleStep:
    return PlanRuleStep(
        step=data["step"],
        say=wording(data["say"]),
        when=condition(data, "when", f"{path}: step {data['step']}"),
        do=data.get("do", ""),
        work_out=data.get("work-out", ""),
        leaves=frozenset(data.get("leaves", ())),
        start=some_number(data.get("start")),
        every=some_number(data.get("every")),
        wait=some_number(data.get("wait")),
        check=data.get("check", ""),
        who=data.get("who", "owner"),
        safety=tuple(data.get("safety", ())),
    )


def built_plan(data: Data, path: str) -> PlanRule:
    return PlanRule(
        **head(data, path),
        occasion=data["occasion"],
        applies=condition(data, "applies", path),
        why=wording(data["why"]),
        steps=tuple(_plan_step(step, path) for step in data["steps"]),
        safety=tuple(data["safety"]),
        balanced_first=data.get("balanced-first", False),
    )
