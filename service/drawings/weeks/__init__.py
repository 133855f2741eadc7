"""A planned week as a chart: tables and days, jobs, what stays, what is late, pieces that run short, jobs left over."""
