"""Documents of planning jobs: a job, what a re-plan and a check are asked with, a check's report."""
