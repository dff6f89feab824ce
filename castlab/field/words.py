def sentence(account, units=None):
    return account.verdict
