"""Files that describe weldments, as they are sent over HTTP, and the processes that read them."""
