"""Paper: what is printed or sent as a PDF, a module per paper; routers, templates and the press."""
