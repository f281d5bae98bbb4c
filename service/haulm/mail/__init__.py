"""Mail: letters as bytes, and the way to a mail server. It holds no rule of the farm."""
