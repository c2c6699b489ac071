"""What came back from the bench: answers and measures that the maker keeps in files beside the job file."""
