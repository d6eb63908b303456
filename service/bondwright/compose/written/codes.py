"""The codes that need not be said, for they follow from what stands beside the words."""

_OTHERWISE = "-otherwise"


def of_level(outcome: str, act_on: str) -> str:
    """The code of what a level is called."""
    return f"outcome.{outcome}.level.{act_on}"


def of_rule(rule: str) -> str:
    """The code of what a rule says, or an outcome where no rule spoke.

    >>> of_rule("drained-pipe"), of_rule("main_bonding-otherwise")
    ('rule.drained-pipe.says', 'outcome.main_bonding.otherwise')
    """
    return f"outcome.{rule.removesuffix(_OTHERWISE)}.otherwise" if rule.endswith(_OTHERWISE) else f"rule.{rule}.says"


def of_question(fact: str) -> str:
    """The code of the question behind a fact."""
    return f"fact.{fact}.ask"
