"""Pages and HTTP API on one small server. Parses, calls one function, hands the result to a report; keeps nothing.

`create_app(knowledge)` gives the ASGI application, `saltriage.web.serving.serve` runs it.
"""

__all__ = ["create_app"]


def __getattr__(name: str) -> object:
    if name == "create_app":
        from saltriage.web.app import create_app

        return create_app
    raise AttributeError(name)
