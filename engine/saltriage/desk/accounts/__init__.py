"""Who may work at a desk: users with roles, their sessions, and what keeps guessing slow.

`logging_in.Accounts` is what the server asks; `users` is what the command line changes.
"""
