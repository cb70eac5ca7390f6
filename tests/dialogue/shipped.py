"""Names of the flows that ship, so that each can be a test of its own."""

from advisor.loading import shipped

_FILES = (path.name for path in shipped("flows").iterdir())
FLOWS = sorted(name.removesuffix(".yaml") for name in _FILES if name.endswith(".yaml"))
