"""The `buildbook` command, a module a command."""
