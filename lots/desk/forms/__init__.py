"""Forms of the desk: fields that read what hands type and scanners send, and the form that carries one act."""
