"""What a plan says once it is read: parts, joins, stock, timber, and the settings they are judged by."""
