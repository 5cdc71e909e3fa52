"""What surfaces read: finished documents and tables."""
