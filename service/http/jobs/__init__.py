"""Jobs at the HTTP door: followed, waited for, answered with; work that ends with the client that asked for it."""
