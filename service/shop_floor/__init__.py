"""The shop floor's use cases: measured times taken in, taken back, held beside the predicted ones, and the study made of them."""
