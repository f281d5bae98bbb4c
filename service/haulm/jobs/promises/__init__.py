"""The steps of promises: quote, hold, contract, change, take back, and what is said of them later."""
