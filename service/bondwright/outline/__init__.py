"""What programs act on: an answer that is kept, told in short, from its bytes and the pack that decided.

May be imported by assembly, api and cli; imports audit and rulebook.
"""
