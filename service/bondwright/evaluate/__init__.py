"""Decides: facts about each subject, stages of rules, verdicts, bonding plan.

Pure: takes values, returns values. May be imported by engine, audit, shelf, report, assembly and above;
imports metalwork, calculators, rulebook, installation, errors, units.
"""
