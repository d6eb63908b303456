"""The edge: what stands between the socket and the routes, as ASGI middleware, one module each.

`stack` alone puts them together. They know requests, paths and methods, never what a route does. May be imported by api;
imports `api.problems` and Starlette.
"""
