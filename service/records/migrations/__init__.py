"""The steps the service's tables went through, oldest first."""
