"""Files made to do harm, made in code by fixed rules: a name with an ending for each, and what makes its bytes."""
