"""What the service itself writes down - jobs, keys, webhooks - and the only folder of this package that speaks SQL."""
