"""The bed PDF and pictures of it, written from display lists."""
