"""The answers for one version of the farm, cached and bounded."""
