"""The Django project: settings, addresses, schools, their people, and who may do what."""
