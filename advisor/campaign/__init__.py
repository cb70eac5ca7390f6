"""Rounds of messages: who is due when, quiet hours, what comes too late. Pure: told the time, never asks it."""
