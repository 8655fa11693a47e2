"""Where each part lies: the joint graph, its equations, and their exact solution."""
