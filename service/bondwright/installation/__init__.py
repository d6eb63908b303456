"""What was described: the installation as the people on site see it, unknowns kept as unknown.

Pydantic models and nothing else: no judgement, no graph. May be imported by metalwork, evaluate, api and above;
imports only errors and units.
"""
