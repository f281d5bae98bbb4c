"""One harvest habit a file: single_cut, flush, cut_and_come_again. The table of them is in `harvest_curve`."""
