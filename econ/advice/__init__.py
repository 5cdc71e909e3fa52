"""What is to be said of an outcome: the verdict and the cautions."""
