"""Bondwright decides protective bonding for a described electrical installation.

Imports point down only, row by row (a folder may import lower rows, never its own row):

    8   cli                                          commands
    7   api                                          translate, call, answer
    6   assembly                                     names every real part once
    5a  outline                                      what programs act on, of a kept answer
    5   engine audit shelf report settings proofs    rule engine, records, rule files, pages, environment, proofs of packs
    4e  calculations cases                           numbers on their own, with their working; worked cases
    4d  evaluate                                     the order of the work, room by room
    4c  compose                                      conclusions to the answer: words, groups, JSON
    4b  plan                                         what is to be done: an act for each part, and the connections
    4a  facts                                        one row of facts for each subject
    3c  metalwork                                    graph and possible worlds
    3b  conclude                                     what rules conclude of a row
    3a  calculators rulebook                         arithmetic; what a rule is and means
    2   access installation                          keys of callers; what was described
    1   collecting errors members said units         garbage; errors; members of values; words that know how they were made; words for all

Rows 1 to 4 are pure: no files, network, database, clock or randomness.
"""
