"""The planner's page, rendered by the server: jobs, weldments, plans side by side, the store and the rules."""
