"""The record and the weather store on disk."""
