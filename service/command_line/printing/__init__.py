"""What commands print: tables and documents on standard output; notes, faults and progress on standard error."""
