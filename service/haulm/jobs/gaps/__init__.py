"""What is short: gaps under the names they keep, the ways and jobs that close them, what-ifs, the season's plan."""
