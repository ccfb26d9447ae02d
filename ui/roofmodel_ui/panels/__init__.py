"""The panels at the right. They show the session's state and make edits through it."""
