"""The fitted surface r(height, bearing): basis, robust fit, where it is carried by points and how far it is trusted."""
