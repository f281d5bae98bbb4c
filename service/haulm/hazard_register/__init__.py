"""Which plants do harm, how, and by what names people call them; apart from growing figures and weed notes."""
