"""The server under the application: connections and what they may take, headers and bodies in time, an end in order."""
