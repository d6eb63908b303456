"""Bondwright decides protective bonding for a described electrical installation.

Imports point down only, row by row (a folder may import lower rows, never its own row):

    8   cli                                          commands
    7   api                                          translate, call, answer
    6   assembly                                     names every real part once
    5   engine audit shelf report settings           rule engine, records, rule files, pages, environment
    4b  calculations cases                           numbers on their own, with their working; worked cases
    4   evaluate                                     facts, stages, verdicts, plan
    3b  metalwork                                    graph and possible worlds
    3a  calculators rulebook                         arithmetic; what a rule is and means
    2   access installation                          keys of callers; what was described
    1   errors units                                 words shared by all

Rows 1 to 4 are pure: no files, network, database, clock or randomness.
"""
