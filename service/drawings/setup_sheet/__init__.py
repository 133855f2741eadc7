"""The setup sheet: all that a fitter needs at the table, on paper, in the order of the hands."""

from service.drawings.setup_sheet.html import as_html
from service.drawings.setup_sheet.pdf import as_pdf

__all__ = ["as_html", "as_pdf"]
