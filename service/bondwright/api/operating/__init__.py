"""What those who run the service see of it: a line in the log for each request, figures, spans, and a way out in order.

Nothing here says what was asked or by whom: no body, no query, no address, no key, no header. May be imported by cli and the rest of
`api`; imports assembly and below. Decides nothing, and changes no answer.
"""
