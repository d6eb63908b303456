"""The OpenAPI document: one pass over what the framework writes, and what it says of each member and each word that machines go by."""
