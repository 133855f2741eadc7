"""The planner's page: screens made on the server, over the same use cases as the HTTP interface."""
