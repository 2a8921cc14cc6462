"""What stands on the road: spring, damper, tyre, stops, and the station that holds them."""
