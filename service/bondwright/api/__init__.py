"""The HTTP API: translates a request, calls `assembly`, answers.

One module per subject; `problems` alone turns errors into HTTP, `document` alone touches the OpenAPI document.
The only folder that imports FastAPI. May be imported by cli; imports assembly and below. Decides nothing.
"""
