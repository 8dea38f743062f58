"""The user's thread range: files, matching, blends, measuring."""
