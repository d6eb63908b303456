"""Where answers differ: a replay from its record, another rule pack from the one that decided; counted, and kept on the way.

May be imported by assembly and above; imports only the rest of audit and errors.
"""
