"""What is answered of earths besides the distributor's: `feeder`: the feeding circuit; `earthings`: further earthings."""
