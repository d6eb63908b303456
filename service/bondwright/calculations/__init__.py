"""Calculations on their own: the numbers behind verdicts, each with its working, its sources and the limits of its validity.

`inputs`: what every calculation is asked; `bench`: how one reads a rule pack and notes what it used; `answer`: what comes out;
`catalogue`: all of them by name. `conductors`, `touch` and `faults` hold one module for each subject. They call the functions and the
rules by which verdicts are found, and hold no formula of their own. May be imported by assembly and above; imports evaluate and below.
"""
