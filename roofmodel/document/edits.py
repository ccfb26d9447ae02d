"""Edits: functions Project -> Project. Each raises DocumentError where the result could not be."""
