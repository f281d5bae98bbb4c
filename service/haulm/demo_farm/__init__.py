"""An invented farm, whole, as package data: `folder/` is a canonical farm folder that `haulm-service demo` imports."""
