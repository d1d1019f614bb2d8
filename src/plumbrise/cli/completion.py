"""`plumbrise completion`."""

from __future__ import annotations

import click

from plumbrise.cli.options import AS_JSON

LINES = {
    "bash": 'eval "$(_PLUMBRISE_COMPLETE=bash_source plumbrise)"',
    "zsh": 'eval "$(_PLUMBRISE_COMPLETE=zsh_source plumbrise)"',
    "fish": "_PLUMBRISE_COMPLETE=fish_source plumbrise | source",
}
"""Shell -> the line that switches completion on."""

STARTS = {"bash": "~/.bashrc", "zsh": "~/.zshrc", "fish": "~/.config/fish/config.fish"}


@click.command()
@click.argument("shell", type=click.Choice(list(LINES)))
@AS_JSON
def command(shell: str, as_json: bool) -> None:
    """Print the line that switches on completion in your shell.

    \b
    Example:
        plumbrise completion bash >> ~/.bashrc
    """
    if as_json:
        from plumbrise.cli.session import show_json

        show_json({"version": 1, "shell": shell, "line": LINES[shell], "file": STARTS[shell]})
        return
    click.echo(LINES[shell])
