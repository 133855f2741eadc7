"""By door: command line and HTTP, the use cases behind both, the documents on the wire, drawings, the demo shop."""
