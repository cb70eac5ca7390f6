"""Flows as pictures, drawn from the machines that serve them."""
