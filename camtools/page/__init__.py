"""The shop packet's page: one file that leads through the job at the bench, made from the packet's own files."""
