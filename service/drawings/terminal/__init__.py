"""One alternative in characters: the top view, the pieces as they are placed, the kit by bin, the load order and the way out."""

from service.drawings.terminal.page import PAGE, as_text, print_setup

__all__ = ["PAGE", "as_text", "print_setup"]
