"""The doors: command line, HTTP service, documents on the wire, jobs, sheets, the demo shop."""
