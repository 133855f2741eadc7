"""Webhooks: other systems are told what happened, by the Standard Webhooks convention (specification 1.0.0)."""
