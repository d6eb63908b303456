"""Who may ask for what: keys, scopes, tenants; pure, like every row below 5.

May be imported by audit, assembly and above; imports only errors.
"""
