"""Pages and HTTP API on one small server. Parses, calls one function, hands the result to a report; keeps nothing.

`saltriage.web.app.create_app(knowledge)` gives the ASGI application, `saltriage.web.serving.serve` runs it.
"""
