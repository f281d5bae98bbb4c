"""Starting figures for kinds of cut flower and grass, each with its source, and how a farm overrides them."""
