"""Whether what is named is the cause: it is lifted and looked at again, and what shuts then is named too."""
