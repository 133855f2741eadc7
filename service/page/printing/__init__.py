"""The screen on which one alternative is handed over: sheets to print, drawings and data to download, the kit to reserve."""
