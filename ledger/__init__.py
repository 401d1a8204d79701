"""The site package: settings, addresses and the ways to serve them. Nothing of the trade."""
