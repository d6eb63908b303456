"""The rule engine: the only folder that may import `durable_rules_engine`, driven inside the narrow path where it is right.

Rules are compiled to integer columns and conjunctions (`columns`, `compiled`), fired by the native engine (`durable`, `group`), and
every new situation is checked against `rulebook.meaning` (`channels`). Only `channels` may import `rulebook.meaning`: the two channels
share no compiled form. `memory` is where a whole service remembers. May be imported by assembly and above; imports rulebook and errors.
"""
